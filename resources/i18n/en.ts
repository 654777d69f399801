<?xml version="1.0" encoding="utf-8"?>
<!DOCTYPE TS>
<TS version="2.1" language="en" sourcelanguage="en">
 <context>
  <name>AlarmLine</name>
  <message numerus="yes">
   <source>%n more alarms</source>
   <translation>
    <numerusform>%n more alarm</numerusform>
    <numerusform>%n more alarms</numerusform>
   </translation>
  </message>
 </context>
 <context>
  <name>AnswerCard</name>
  <message numerus="yes">
   <source>%n drops</source>
   <translation>
    <numerusform>%n drop</numerusform>
    <numerusform>%n drops</numerusform>
   </translation>
  </message>
 </context>
 <context>
  <name>AnswersPage</name>
  <message numerus="yes">
   <source>%n allergens to print</source>
   <translation>
    <numerusform>%n allergen to print</numerusform>
    <numerusform>%n allergens to print</numerusform>
   </translation>
  </message>
  <message numerus="yes">
   <source>%n steps to the finished tins</source>
   <translation>
    <numerusform>%n step to the finished tins</numerusform>
    <numerusform>%n steps to the finished tins</numerusform>
   </translation>
  </message>
 </context>
 <context>
  <name>FinishedPage</name>
  <message numerus="yes">
   <source>%n tins</source>
   <translation>
    <numerusform>%n tin</numerusform>
    <numerusform>%n tins</numerusform>
   </translation>
  </message>
  <message numerus="yes">
   <source>and %n more in the record</source>
   <translation>
    <numerusform>and %n more in the record</numerusform>
    <numerusform>and %n more in the record</numerusform>
   </translation>
  </message>
 </context>
 <context>
  <name>ScentPanel</name>
  <message numerus="yes">
   <source>Room for {mass} more, %n drops to be sure, until {limit}.</source>
   <translation>
    <numerusform>Room for {mass} more, %n drop to be sure, until {limit}.</numerusform>
    <numerusform>Room for {mass} more, %n drops to be sure, until {limit}.</numerusform>
   </translation>
  </message>
 </context>
 <context>
  <name>StepsPage</name>
  <message numerus="yes">
   <source>%n steps</source>
   <translation>
    <numerusform>%n step</numerusform>
    <numerusform>%n steps</numerusform>
   </translation>
  </message>
 </context>
</TS>
